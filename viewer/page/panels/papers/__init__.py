"""Papers made from the page and opened from it."""
