"""The run sheet performed: sound and picture on one sample clock."""
