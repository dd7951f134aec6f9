"""What makes a long password easy to guess: words everybody uses, keyboard runs, sequences, repeats.

The list is short and our own; the rules stretch it: any chain of these words, with digits, signs or look-alike letters
between them, counts as known.
"""

from functools import lru_cache

# From memory: check. Words and phrases that people are known to build passwords from.
WORDS_TEXT = """
    password passwort passphrase passcode pass word secret secrets secure security login signin logon welcome hello
    letmein letme open sesame opensesame access admin administrator root superuser user username guest test testing
    tester default changeme change temp temporary qwerty azerty qwertz dvorak abc abcdef iloveyou love you loveyou
    lover forever always together mylove sweetheart darling baby babygirl angel princess prince queen king master
    monkey dragon tiger lion wolf eagle bear shadow sunshine sunrise sunset moonlight starlight flower butterfly
    summer winter spring autumn january february march april may june july august september october november
    december monday tuesday wednesday thursday friday saturday sunday football baseball basketball hockey soccer
    superman batman spiderman starwars pokemon computer internet keyboard mouse laptop android tablet
    window apple internet freedom liberty justice whatever nothing something
    everything nobody anything trustno trustnoone trust noone number one two three four five six seven eight nine
    ten zero first second third michael jennifer jessica ashley daniel charlie thomas jordan robert matthew andrew
    house home work office school family friend friends forever mother father brother sister mum mom dad god jesus
    christ heaven hell demon killer hunter ranger soldier cookie chocolate cheese coffee pepper ginger
    banana orange cherry purple yellow green black white silver golden diamond crystal money lucky happy birthday
    christmas merry newyear year new old my me i am is the a an and of to in it this that not no yes please thanks
    thank
"""
PHRASES_TEXT = """
    tobeornottobe tobeornottobethatisthequestion maytheforcebewithyou thequickbrownfox jumpsoverthelazydog
    correcthorsebatterystaple correcthorse batterystaple onceuponatime loremipsum dolorsitamet happilyeverafter
    inthebeginning ourfatherwhoartinheaven thelordismyshepherd ingodwetrust allyouneedislove carpediem cogitoergosum
    abracadabra supercalifragilisticexpialidocious alohomora winteriscoming iamyourfather livelongandprosper
    whatsyourname mynameis whoareyou helloworld goodmorning goodnight seeyoulater neverforget rememberme
    letmeinplease letmeinnow donttouch keepout itsasecret nopassword passwordprotected mothersmaidenname
    twinkletwinklelittlestar humptydumpty maryhadalittlelamb rowrowrowyourboat happybirthdaytoyou merrychristmas
    werethechampions wearethechampions imagineallthepeople ihaveadream makelovenotwar
"""
WORDS = frozenset(WORDS_TEXT.split())
PHRASES = frozenset(PHRASES_TEXT.split())
RUNS = (
    "abcdefghijklmnopqrstuvwxyz",
    "01234567890123456789",
    "qwertyuiop",
    "asdfghjkl",
    "zxcvbnm",
    "azertyuiop",
    "qsdfghjklm",
    "qwertzuiop",
    "1qaz2wsx3edc4rfv5tgb6yhn7ujm8ik9ol0p",
    "qazwsxedcrfvtgbyhnujmikolp",
    "1q2w3e4r5t6y7u8i9o0p",
    "q1w2e3r4t5y6u7i8o9p0",
)
LOOKALIKES = str.maketrans({"0": "o", "1": "i", "3": "e", "4": "a", "5": "s", "7": "t", "@": "a", "$": "s", "!": "i"})
SHORTEST_RUN = 3
LONGEST_REPEATED = 14  # a longer piece could be a password by itself
LONGEST_TOKEN = max(len(phrase) for phrase in PHRASES)


def plain(text: str) -> str:
    """Return only the letters and digits of a text, letter case ignored."""
    return "".join(sign for sign in text.casefold() if sign.isalnum())


def repeats_itself(text: str) -> bool:
    """Say whether a text is one short piece said again and again, the last time perhaps in part."""
    sizes = range(1, min(len(text) // 2, LONGEST_REPEATED) + 1)
    return any(text == (text[:size] * (len(text) // size + 1))[: len(text)] for size in sizes)


@lru_cache(maxsize=1)
def _run_pieces() -> frozenset[str]:
    both_ways = [way for run in RUNS for way in (run, run[::-1])]
    return frozenset(
        way[start:end] for way in both_ways for start in range(len(way)) for end in range(start + SHORTEST_RUN, len(way) + 1)
    )


def _known(piece: str) -> bool:
    return piece in WORDS or piece in PHRASES or piece in _run_pieces() or (len(piece) >= SHORTEST_RUN and len(set(piece)) == 1)


def unexplained(text: str) -> int:
    """Count the letters of a text that no chain of known pieces covers; digits beside known pieces are free."""
    fewest = [0] * (len(text) + 1)
    for end in range(1, len(text) + 1):
        best = fewest[end - 1] + (0 if text[end - 1].isdigit() else 1)
        for start in range(max(0, end - LONGEST_TOKEN), end):
            if fewest[start] < best and _known(text[start:end]):
                best = fewest[start]
        fewest[end] = best
    return fewest[-1]


def easy_to_guess(password: str) -> bool:
    """Say whether a password is made of what everybody tries first."""
    text = plain(password)
    if len(text) < SHORTEST_RUN:
        text = password
    if len(set(text)) <= SHORTEST_RUN or repeats_itself(text):
        return True
    allowance = 2
    if text.isdigit():
        return text in _run_pieces()
    spellings = {text, plain(password.casefold().translate(LOOKALIKES))}
    return any(unexplained(spelling) <= allowance for spelling in spellings)
