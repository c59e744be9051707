"""Cases for the passage engine and the runs that measure it."""
