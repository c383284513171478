"""The hall, live: a lesson led call by call through a loudspeaker and a window.

Where what is handled:

- a key, a presenter's button, a pad's, one switch: `keys.py` (the table itself: `caller.screen.keytable`)
- a pause, the key page, the question whether to stop: `performance/presses.py`
- which call comes next, a round taught again: `performance/conductor.py`
- a lost loudspeaker: `loudspeaker/output.py`; a lost or missing display: `window.py`
- waiting for quiet, listening to claps: `microphone/`; counting by ear: `performance/by_ear.py`
- counts, rounds, carrying on after a power cut: `keeping.py`
- errors of worker threads, the log: `background.py`
- what is opened once for the whole run of the program: `room.py`
- choosing a lesson, standing in, what happened: `start/`
- what the screens say: `words.py`
"""
