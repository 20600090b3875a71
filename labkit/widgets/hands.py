"""What a touch at the bench puts on a point, and what the meter shows before it is read."""

BLANK = "- - - -"
"""On the meter's display before it was read, and after something was moved."""

HANDS = {
    "both": "The leads are in hand, red first.",
    "red": "The red lead is in hand.",
    "black": "The black lead is in hand.",
    "jumper": "The fused jumper is in hand: choose the two points it is to join.",
    "test lamp": "The test lamp is in hand: choose the two points it is to hang between.",
    "take apart": "Choose a terminal to take it apart, or to join it again.",
}
"""What a touch puts on a point: both leads in turn, one of them, or something else; in words."""

CLIPS = ("jumper", "test lamp")
"""What is clipped on at two points."""
