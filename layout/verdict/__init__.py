"""Does it go in, how sure, in which order, and what would mend it."""
