package glossary

// groups holds every term, in reading order.
var groups = []Group{
	{"What is measured", scoreTerms},
	{"How noisy a test is", noiseTerms},
	{"Is one noise true for all", errorTerms},
	{"Intraclass correlations", iccTerms},
	{"Agreement of two sessions", agreementTerms},
	{"Where the noise comes from, and what to do about it", componentTerms},
	{"Is a change real, and does it matter", changeTerms},
	{"An athlete over a season", seasonTerms},
	{"Many changes and tests at once", familyTerms},
	{"Where an athlete stands", normsTerms},
	{"What an athlete needs", profileTerms},
	{"How large the next study must be", planTerms},
	{"What goes with the outcome", correlationTerms},
	{"What an outcome model adds", modelTerms},
	{"Intervals, tests and resampling", intervalTerms},
}

// clinician goes with everything that can be read as a judgement of a body.
const clinician = "Not a diagnosis: a low, painful or one-sided shoulder, back or hip result goes to a licensed " +
	"clinician before anyone trains on it; with minors the guardians' consent and local rules come first."

// Sources that several terms share.
const (
	mcGrawWong    = "McGraw KO, Wong SP (1996), Psychological Methods 1:30–46, with the correction in 1(4):390"
	shroutFleiss  = "Shrout PE, Fleiss JL (1979), Psychological Bulletin 86:420–428"
	weir          = "Weir JP (2005), J Strength Cond Res 19(1):231–240"
	blandAltman86 = "Bland JM, Altman DG (1986), Lancet 327:307–310"
	blandAltman99 = "Bland JM, Altman DG (1999), Stat Methods Med Res 8:135–160"
	carkeet       = "Carkeet A (2015), Optom Vis Sci 92(3):e71–e80"
	snedecor      = "Snedecor GW, Cochran WG (1989), Statistical Methods, 8th ed., Iowa State University Press"
	draperSmith   = "Draper NR, Smith H (1998), Applied Regression Analysis, 3rd ed., Wiley"
	pattersonREML = "Patterson HD, Thompson R (1971), Biometrika 58:545–554"
	designStudy   = "Cronbach LJ et al. (1972), The Dependability of Behavioral Measurements, Wiley; Brennan RL " +
		"(2001), Generalizability Theory, Springer"
	spearman   = "Spearman C (1904), American Journal of Psychology 15:72–101"
	fisher21   = "Fisher RA (1921), Metron 1:3–32"
	tibshirani = "Efron B, Tibshirani RJ (1993), An Introduction to the Bootstrap, chapter 13"
)
