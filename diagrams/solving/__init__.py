"""From what an author wrote to a body that does it: targets, contacts, props, least squares."""
