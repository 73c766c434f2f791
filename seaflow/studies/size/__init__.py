"""How much water, which head, which pump, which bores: the study behind `size`."""
