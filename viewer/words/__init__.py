"""Numbers into words, here and nowhere else."""
