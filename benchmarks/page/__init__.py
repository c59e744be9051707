"""How the page feels: opening, drawing, memory, and from an edit to the shown answer."""
