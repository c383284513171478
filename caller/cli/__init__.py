"""Words on the command line, nothing else."""
