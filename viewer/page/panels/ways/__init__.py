"""Does each thing go in, how, and what decides: the way to be played, scrubbed and tried."""
