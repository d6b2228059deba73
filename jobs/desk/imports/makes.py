"""Where the make ends in a cell that holds make and model in one: “Moto Halden V7”.

A make of the business's bikes and model sheets is known, however many words it has. Else the
first word is the make, and where the second may belong to it a person is asked.
"""

from collections.abc import Iterable

from jobs.garage.models import Bike, ModelSheet

PlainMake = tuple[str, ...]


def makes_known() -> list[str]:
    """The makes of the business's bikes and model sheets. One query."""
    of_bikes = Bike.objects.order_by().values_list("make")
    return [make for (make,) in of_bikes.union(ModelSheet.objects.order_by().values_list("make"))]


def plain_makes(makes: Iterable[str]) -> set[PlainMake]:
    return {tuple(make.casefold().split()) for make in makes} - {()}


def make_and_model(cell: str, makes: Iterable[PlainMake] = ()) -> tuple[str, str]:
    """The longest known make the cell begins with, else its first word; then the rest.

    >>> make_and_model("Moto Halden V7"), make_and_model("moto halden V7", [("moto", "halden")])
    (('Moto', 'Halden V7'), ('moto halden', 'V7'))
    """
    words = cell.split()
    length = _length_of_known(words, makes) or 1
    return " ".join(words[:length]), " ".join(words[length:])


def makes_in_question(cells: Iterable[str], makes: Iterable[PlainMake]) -> list[str]:
    """First two words that may be one make: no make is known, and the second is all letters.

    >>> makes_in_question(["Moto Halden V7", "Corvane 650 R", "Tarn Uno"], [])
    ['Moto Halden']
    """
    makes = list(makes)
    found: dict[str, str] = {}
    for words in map(str.split, cells):
        may_be_one = len(words) > 2 and len(words[1]) > 1 and words[1].isalpha()
        if may_be_one and not _length_of_known(words, makes):
            first_two = " ".join(words[:2])
            found.setdefault(first_two.casefold(), first_two)
    return list(found.values())


def _length_of_known(words: list[str], makes: Iterable[PlainMake]) -> int:
    plain = tuple(word.casefold() for word in words)
    return max((len(make) for make in makes if plain[: len(make)] == make), default=0)
