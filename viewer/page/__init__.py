"""The page: the same engine in a browser on the shop's own machine, over the same two files."""
