"""Spares whoever checks JSON the grammar of one format of address; import it before they do.

`rfc3987_syntax` takes seconds to compile that grammar, and whoever asks for it goes without where
it cannot be had. JupyterLab is started so, and so are the tests.
"""

import sys

sys.modules.setdefault("rfc3987_syntax", None)  # type: ignore[arg-type]
