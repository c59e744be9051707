"""Who feeds whom, and each cable whole."""
