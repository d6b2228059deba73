"""``{% term "pace" %}``: a term of the trade that opens its explanation where it stands."""

from django import template

from ..glossary import TERMS, Term

register = template.Library()


@register.inclusion_tag("portal/term.html")
def term(name: str) -> dict[str, Term]:
    return {"term": TERMS[name]}
