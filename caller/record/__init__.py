"""What a class has shown: lessons run, rounds and tallies, kept on this machine. No pupils."""
