"""Voices, tones, loudness and mixing: arrays in, arrays out; no device."""
