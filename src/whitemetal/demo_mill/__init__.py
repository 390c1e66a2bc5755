"""Six bearings at Tarn Mill, a paper works that does not exist. Every figure is invented."""
