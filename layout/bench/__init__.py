"""The bench: where things go on a plate, what is drilled, and which plate goes in."""
