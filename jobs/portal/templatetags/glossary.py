"""``{% term "pace" %}``: a term of the trade that opens its explanation where it stands."""

from django import template

from ..glossary import TERMS, TradeTerm

register = template.Library()


@register.inclusion_tag("portal/term.html")
def term(name: str) -> dict[str, TradeTerm]:
    return {"term": TERMS[name]}
