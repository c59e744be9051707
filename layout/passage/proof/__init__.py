"""Proof that there is no way, kept so that it can be checked again."""
