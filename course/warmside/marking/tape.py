"""Lengths as a tape shows them."""

from fractions import Fraction


def inches(sixteenths: int) -> str:
    """Return a length as a tape shows it.

    Parameters
    ----------
    sixteenths : int
        Length [1/16 in].

    Examples
    --------
    >>> inches(21), inches(4), inches(0)
    ('1 5/16 in', '1/4 in', '0 in')
    """
    whole, part = divmod(sixteenths, 16)
    words = [str(each) for each in (whole, Fraction(part, 16)) if each]
    return f"{' '.join(words) or '0'} in"
