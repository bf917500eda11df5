"""The study of a cut before the knife goes in: which heights and slants leave a jar and a lid that she wants.

Heights and slants are those of the design file, in the state it is sized in; what jar and lid hold, weigh and
measure is fired.
"""
