"""Making lessons without a text file: a model that knows no window, and a window over it.

Only `window` and `controls` import Qt, and only a process of their own imports them.
"""
