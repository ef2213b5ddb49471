"""What each kind of slip costs, in bits.

A cost is how much less likely it is that this member would have said this than that they would
have said it without any slip: 0 bits for what agrees, some 6 for a slip of the finger, 20 for a
name they do not have. The costs are common sense in round numbers, set by hand; they rank, and
they keep near ones from being taken for sure. `docs/find.md` has the table.
"""

from __future__ import annotations

# A name that they do not have, and one that only begins like theirs.
NOT_A_NAME, SAME_LETTER = 20.0, 18.0
# The same of a given name beside the right family name; and if two letters begin it, as in pet forms.
OTHER_GIVEN, OTHER_GIVEN_LETTER, OTHER_GIVEN_LETTERS = 15.0, 13.0, 11.0
ONE_SLIP, TWO_SLIPS, THREE_SLIPS = 6.0, 12.0, 16.0
# Slips that fingers make (common practice): a letter left out, typed twice, in the wrong order, or
# the key beside it; any other letter is less likely.
OF_A_FINGER, OF_ANOTHER = -0.5, 1.0
DOUBLE, FIRST = -0.5, 0.5  # a double letter written once; the first letter, which few get wrong
SHORT = 2.0  # in a word of three letters one slip leaves little
SOUND = 7.0
SHORT_FORM, SHORT_FORMS = 3.0, 5.0  # Bob for Robert; Bob for Rob
SELDOM = 3.0  # more: Patsy for Martha, not for Patricia
CUT, FOND = 5.0, 7.0  # Chris for Christopher, Robbie for Robert, where no list has it
INITIAL = 3.0
FORMER, FURTHER = 1.0, 1.5  # a former name; a middle name, or the other of a joint sign-up
OTHER_OF_TWO = 3.0  # "Ana and Ben Ruiz": one of the two is somebody else
TURNED = 1.5  # family name first
LEFT_OUT = 1.0  # "de la" of a last name: "Cruz"
HALF = 0.5  # one word of a double family name left out
AS_ONE = 2.0  # a name without a blank, that is not their handle
SIGNS = 1.0  # "pat_lee" for the handle patlee
LOCAL = 0.5  # what was said could be a handle, and is the local part of the mailbox
OTHER_PROVIDER = 5.0
OTHER_DOMAIN_SLIPS = (0.0, 4.0, 6.0)
NOT_THEIR_MAILBOX, NOT_THEIR_PHONE, NOT_THEIR_TAIL = 26.0, 26.0, 15.0
THEIR_NAME_IN_IT = 12.0  # a mailbox that is not on file, and holds their name
OTHER_SITE, NO_SITE = 9.0, 4.0
OTHER_ZIP, OTHER_STREET, NO_HOME = 9.0, 10.0, 4.0

# How much each clue tells of somebody whom we do not know, in bits: the less, the commoner it is.
TELLS = {"whole": 22.0, "email": 30.0, "phone": 28.0, "tail": 13.0, "site": 5.0,
         "zip": 10.0, "street": 14.0}  # fmt: skip
# The same of a clue that agrees.
NAME_TELLS = 6.0
TELLS_OF = {"email": 30.0, "handle": 22.0, "phone": 28.0, "phone end": 11.0, "site": 3.0, "town": 5.0,
            "zip": 10.0, "street": 7.0, "unit": 5.0}  # fmt: skip
