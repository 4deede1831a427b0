"""What a pose asks for: target angles, frozen angles, contacts, directions, as the author's words give them."""
