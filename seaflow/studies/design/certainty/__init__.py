"""How sure an answer is: sampled bands, likelihoods, and which input decides."""
