"""Parts of the coupling work: form of bores, bands and classes, tapers, warming, face rings."""
