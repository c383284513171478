"""Before and after a lesson: choosing one, standing in, what happened."""
