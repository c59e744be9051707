"""Which cables run together, at the least whole cost."""
