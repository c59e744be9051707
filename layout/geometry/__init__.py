"""Boxes, turns and poses: how far apart two solids are, and the compiler behind the kernels."""
