"""Bodies, poses, props, views and pictures: a pose in clinical words becomes a drawing."""
