"""Changes to the files: small, whole or not at all, and each can be taken back."""
