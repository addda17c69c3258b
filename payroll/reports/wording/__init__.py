"""What statements say, in English, Spanish and French.

`words/` holds the catalogue, one file a topic, with the languages of an entry side by side. `catalogue` reads it, and
the words of the work itself from `jobs.wording`, whose `forms` read an English sentence of a record back into its
values; `speech` puts these together: `words_of(language, currency)` is the front door. `required` lists what a place's
law asks for.

The record of a closed statement is English and never changes; another language is a rendering of it. Citations and
names of laws stay as they are.
"""

from jobs.wording import LANGUAGES, Said, language_of
from payroll.reports.wording.speech import ENGLISH, Words, words_of

__all__ = ["ENGLISH", "LANGUAGES", "Said", "Words", "language_of", "words_of"]
