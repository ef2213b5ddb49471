"""Makes fixtures_demo/: an invented co-op, its members, its join forms, and what each form is.

    python tests/demo/make_demo.py [FOLDER]

Everybody is invented. Towns, ZIP codes and area codes are real, because they are checked
against each other; streets and people are not, phones end in 555-01XX, and mail goes to
reserved domains, but where a slip in a provider's name is the point. The same seed gives the
same bytes.
"""
