"""What a picture shows and from where: emphasis, camera, things around the body."""
