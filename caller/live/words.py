"""What the teacher's own screens say, in one place. Names in braces are filled in where it is said.

What a key does stands beside the key (`caller.screen.keytable`).
"""

from __future__ import annotations

from typing import Final

# The key page
KEYS_TITLE: Final = "Keys"
DIGITS: Final = "0 to 9"
MISSED_IT: Final = "after an answer: so many missed it"
FOOT: Final = "No key is ever needed: the lesson goes on by itself. {key}: back to the lesson."
SINGLE_SWITCH_FOOT: Final = (
    "One button for everything, {key}: a short press goes on, holding it says the call again."
)

# While a lesson is led
PAUSED: Final = "Paused. {pause}: go on from the start of this call. {help}: all keys."
ASK_TO_STOP: Final = "Stop the lesson? {stop} again: stop. {pause}: go on."
WAITING: Final = "Waiting until the hall is quiet. {next}: go on now."
GO_ON: Final = "{next}: go on. {help}: all keys. {stop}: leave."
VOLUME: Final = "Volume {step} of {steps}."
LOUDEST: Final = "Volume {step} of {steps}: louder only at the loudspeaker."
NO_PART: Final = "There is no further part to go on to."
TROUBLE: Final = "Something went wrong inside the program ({what}). The lesson goes on."
UNSEEN: Final = "No display: the lesson is led by the voice alone, and each call is printed as it is heard."
UNSEEN_UNHEARD: Final = (
    "No display and no sound: each call is printed when it is due, for somebody to read aloud."
)

# Counting after an answer
NOTED: Final = "Noted."
NOTED_PRACTICE: Final = "Noted. The practice clock is not kept."
NOT_YET: Final = "Counting begins with the answer."
TAKEN_BACK: Final = "Taken back."
NOTHING_TO_TAKE_BACK: Final = "There is no count to take back."
TAUGHT_NEXT: Final = "Noted. It is taught again now."
TAUGHT_ALREADY: Final = "Noted. It was taught again already."
NOTHING_PREPARED: Final = "Noted. There is no second clock for this one."
NO_TIME_LEFT: Final = "Noted. There is not enough time left to teach it again."

# The loudspeaker, the microphone, the display
LOST_NOTICE: Final = "No sound: read the words aloud. Trying to get it back."
NONE_NOTICE: Final = "No loudspeaker: read the words aloud. One that is plugged in now is taken."
NO_MICROPHONE: Final = "No microphone: calls do not wait for quiet."
NO_SPEAKER: Final = (
    "This computer has no working loudspeaker for the lesson: plug one in or choose one in the sound "
    "settings, or add --mute to run without sound."
)
NO_DISPLAY: Final = (
    "This computer has no display to show the clock on: connect one, "
    "or start the lesson from a desktop session."
)
DISPLAY_LOST: Final = (
    "The display went away in the middle of the lesson: connect it again and start the caller again; "
    "it carries on from the call it had reached."
)
WINDOW_TITLE: Final = "Lesson caller"

# Choosing
HINT: Final = "Arrow keys or presenter: choose. Enter or the presenter's stop key: take it. {help}: all keys."
SWITCH_HINT: Final = "Press: the next one. Hold: take it."
CHOOSING_TITLE: Final = "Keys for choosing"
CHOOSING_FOOT: Final = "{help} or any other key: back."
CHOOSE_NEXT: Final = "the next one"
CHOOSE_LAST: Final = "the one before"
CHOOSE_ROW: Final = "a row up or down"
CHOOSE_TAKE: Final = "take it"
CHOOSE_LEAVE: Final = "back, or leave"
CHOOSE_HELP: Final = "show or hide the keys"
CHOOSE_TOUCH: Final = "A tap or a click on a picture takes it, too."
WHICH_LESSON: Final = "Which lesson?"
STANDING_IN: Final = ("I am the substitute today", "two questions, and go")
WAS_CUT_OFF: Final = "This lesson was cut off. Carry on?"
CARRY_ON_AT: Final = "Carry on at clock {round}"
CARRY_ON: Final = "Carry on where it stopped"
CHOOSE_ANOTHER: Final = ("No", "choose a lesson")
LESSON: Final = "Lesson"
MINUTES: Final = "{minutes} min"
WHICH_CLASS: Final = "Which class?"
HOW_LONG: Final = "How many minutes are there?"
SO_LONG: Final = "{minutes} minutes"
ANOTHER_CLASS: Final = ("Another class", "begins with the quarters")
MAKING: Final = "One moment: a lesson of {minutes} minutes is being made."
MAKING_FOR: Final = "One moment: a lesson of {minutes} minutes is being made for the {name}."
MAKING_STILL: Final = "Still at it, for {seconds} seconds. {stop}: leave."
NO_LESSON: Final = "No lesson came out: {why} Take a ready lesson instead."
BACK: Final = "Back"
RUNNING_ALREADY: Final = "Another lesson is running on this computer."
LOOK_AGAIN: Final = ("Look again", "when the other one is over")
LEAVE: Final = "Leave"
THIS_LESSON: Final = "This lesson"
BACK_TO_START: Final = "Any button: back to the start."
