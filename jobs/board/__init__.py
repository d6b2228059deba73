"""The screens of the crew at the track, one folder per screen.

``day``         the day board with its tools, plan, evening and A4 print; its fragment is
                cached by the revision of the day and the minute
``round``       one person's tasks in order, with the entry of numbers
``sheet``       the bike sheet; a panel opens inside it or as a page of its own
``advice``      findings, suspects, suggestions and evidence
``findings``    the catalogue of findings and its form. What was typed is kept as a table of
                the open form, right or wrong; every button posts the complete form
``checklists``  the editor of checklists
``tags``        plate tags, and the number typed
"""
