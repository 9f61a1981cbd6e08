// Small things for every page. Pages work without it.
"use strict";
