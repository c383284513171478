"""The sequencer: a lesson with everything decided, as calls in words."""
