"""What stock is worth: moving average, and first in first out, over a sequence of movements.

The rules, in words:

- What comes in (a delivery, cut scrap, something moved here) comes in at its own value.
- What goes out (used, discarded, moved away, found missing by a count) goes out at the mean of what is there, or at the value
  of the oldest layers. The last gram takes along what rounding left, so that nothing is ever worth something.
- What comes back from use comes back at what it went out at. First in, first out puts it in front: it is the oldest.
- What a count finds in excess comes in at the mean of what is there; on an empty shelf at the cost written on its lot.
- An undone line moves its own value the other way. Where that value is no longer there, because it went out in between at a
  mean that it had made, as much is taken as is there; lines written in between keep what they were costed at.
- A change of the method carries the stock over at its worth in the books; what was costed before stays as it was.

Masses are grams to three places, values money to four places, rounded half up.
"""
