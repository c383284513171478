"""The lesson script: its model, reading and writing, and errors with line and column."""
