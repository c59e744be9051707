"""Where each part goes on a plate: a search that packs, and a program that proves."""
