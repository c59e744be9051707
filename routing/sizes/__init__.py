"""How thick and how long a cable must be."""
