"""Drawing: dial, figures, lanes and captions on a Skia canvas; no window."""
