package norms_test

import _ "noisefloor/internal/seeded" // property tests draw the same cases in every run
