"""The bench's papers: a board drawn from its front and side, its template, lists and mock-up."""
