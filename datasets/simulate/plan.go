package simulate

// Names that appear in the table.
const (
	bowler, batter      = "bowler", "batter"
	trained, control    = "trained", "control"
	left, right         = "left", "right"
	available           = "available"
	returning           = "returning"
	ballSpeed, batSpeed = "ball_speed", "bat_speed"
)

// The plan of the study. Sessions 1 and 2 come before the training block with
// no training between them, sessions 3 and 4 after it.
const (
	Sessions = 4
	Trials   = 3

	firstAfter = 3 // the first session after the training block

	bowlerShare  = 0.6  // of the athletes
	leftShare    = 0.2  // of the athletes are left-handed
	absentShare  = 0.1  // of the athletes miss one session
	voidShare    = 0.01 // of the attempts have no valid reading
	controlEvery = 3    // every third athlete of a discipline trains as before
	testSpread   = 0.5  // an athlete's response in one test is up to half more or less than the general one
)

// levels are the levels of the academy, from the youngest up.
var levels = [...]string{"school", "academy", "senior"}

// massMean is the mean body mass by level, kg; massSD is its spread within level.
var massMean = [...]float64{62, 75, 83}

const massSD = 7

// ages are the youngest and oldest age by level, whole years.
var ages = [...][2]int{{14, 17}, {18, 20}, {20, 33}}

// A vector holds loadings on the three independent standard normal factors
// behind all scores of an athlete within a level: rotation, sagittal, frontal.
type vector [3]float64

func (v vector) dot(w vector) float64 {
	return float64(v[0]*w[0]) + float64(v[1]*w[1]) + float64(v[2]*w[2])
}

// Directions for the kinds of test (unit length), for the outcomes and for body
// mass (the rest is their own). The sagittal ability
// correlates 0.35 with the rotational one; ball and bat speed load 0.80 on
// rotation, which makes their correlation with the sagittal ability
// 0.35·0.80 + 0.9367·0.085 = 0.36.
var (
	rotation = vector{1, 0, 0}
	sagittal = vector{0.35, 0.936749700, 0}
	frontal  = vector{0.55, 0.25, 0.796868873}
	outcome  = vector{0.80, 0.085, 0}
	mass     = vector{0.257, 0.421, 0}
)

func (v vector) times(c float64) vector { return vector{c * v[0], c * v[1], c * v[2]} }

// A family is a group of tests that share something beside the factors: the
// technique of one turn, of one jump.
type family int

const (
	alone family = iota
	turns
	fixedTurns
	jumps
	families // their number
)

// A test is one line of the plan: what the dictionary says of a measure, and
// the true values behind its scores. Everything is on the measure's scale: the
// unit for raw, natural-log units for log; mean is always in the unit.
type test struct {
	Measure        // Name is without the side
	sided   bool   // done left and right
	only    string // the discipline that does it; "" is both
	digits  int    // decimals that the device shows
	log     bool   // errors grow with the value
	mean    [3]float64
	sd      float64 // between athletes within level, before handedness
	factors vector  // loadings on rotation, sagittal, frontal
	family  family
	shared  float64 // loading on the family
	line    bool    // one load of the load-velocity line: see [turnAt]
	lean    float64 // loading on the slope of that line
	lead    float64 // half the lead of the dominant side, in sd
	sway    float64 // SD of an athlete's own departure from that, in sd
	day     float64 // SD athlete × session
	trial   float64 // SD between trials of a session
	learned float64 // shift of the mean from session 1 to all later ones
	gain    float64 // mean training effect of the trained group, fraction of the score
	hurt    float64 // fraction lost by the athlete with the injured shoulder
}

func value(x float64) *float64 { return &x }
