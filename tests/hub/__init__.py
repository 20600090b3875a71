"""A real hub with learners who log in, open a notebook, and play a hunt through their kernels."""
