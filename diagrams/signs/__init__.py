"""Signs on a picture, each with one meaning: movement, earlier place, felt here, angle, enlarged parts."""
