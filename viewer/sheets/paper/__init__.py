"""One paper as data, set as PDF with bookmarks and as HTML: what is on one is on the other."""
