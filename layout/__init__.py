"""What is where, and does it go."""
