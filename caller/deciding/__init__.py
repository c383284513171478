"""The sequencer: from a lesson to a decided lesson, every choice made over the whole of it, and no words."""
