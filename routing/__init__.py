"""How cable runs, how long it is and what size it must be."""
