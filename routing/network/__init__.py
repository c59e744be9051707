"""What arrives at each load, and what protects it."""
