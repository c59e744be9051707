"""Changes for the worse, by the part of the house they spoil."""
