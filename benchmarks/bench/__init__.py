"""What the bench finds, measured against what a user would do instead."""
