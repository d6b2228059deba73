"""The forms of a bike's advice, read into the payloads of their acts."""

from jobs.acts.forms import PostedForm, form_reader
from jobs.acts.registry import Payload


@form_reader("finding")
def finding_read(form: PostedForm) -> Payload:
    """A stop condition's button names its finding too: ``stop`` is “code: its words”."""
    names = ("words", "code", "end", "phase", "place", "corner")
    fields = {name: form.get(name) for name in names}
    code, seen, stop = form.get("stop").partition(": ")
    if seen:
        fields |= {"code": code, "stop": stop}
    return {
        "entry": form.get("entry"),
        **fields,
        "by_rider": bool(form.get("by_rider")),
        "photo": form.get("photo") or None,
    }
