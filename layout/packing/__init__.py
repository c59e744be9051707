"""Where things can stand in the boat: on which face, how turned, and whether they go in there."""
