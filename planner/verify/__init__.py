"""The other pair of eyes: recomputes a week from what is printed and finds every rule it breaks or misstates. Nothing
here is shared with the week's model, so that one slip cannot hide in both."""
