"""One result: the steps that make it, kept, read back and compared."""
