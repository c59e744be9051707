"""What people look at: the terminal, the book, the picture."""
