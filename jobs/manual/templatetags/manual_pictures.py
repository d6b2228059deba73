from django import template
from django.templatetags.static import static

register = template.Library()


@register.simple_tag
def picture_url(name: str, theme: str) -> str:
    """The address of a picture of the manual in a theme."""
    return static(f"manual/{name}-{theme}.webp")
