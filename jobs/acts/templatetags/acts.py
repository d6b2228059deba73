"""The hidden fields of a form that posts an act."""

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from ..registry import KINDS

register = template.Library()


@register.simple_tag(takes_context=True)
def act_fields(context: template.Context, *kinds: str, **about: object) -> SafeString:
    """``{% act_fields "change" "order" entry=entry.pk %}``: which acts a form may post, each
    with the version of its fields, and what it is about.

    The first kind is meant unless the button that was tapped says another in ``data-kind``,
    or a field called ``kind`` does. The day is that of the page: its ``trackday``, or that
    of its ``entry``.
    """
    day = context["trackday"].pk if "trackday" in context else context["entry"].trackday_id
    versions = ",".join(f"{kind}/{KINDS[kind].version}" for kind in kinds)
    return format_html(
        '<input type="hidden" name="act_id" data-trackday="{}">'
        '<input type="hidden" name="act_kinds" value="{}">{}',
        day,
        versions,
        format_html_join(
            "", '<input type="hidden" name="{}" value="{}">', ((k, v) for k, v in about.items())
        ),
    )
