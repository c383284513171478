"""From segments to sound, and what happens when the loudspeaker is lost."""
