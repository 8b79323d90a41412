package study

import (
	"noisefloor/analysis/retest"
	"noisefloor/analysis/season"
	"noisefloor/internal/cohort"
)

// checkSeason settles how many sessions a season has.
func (r *Retest) checkSeason() error {
	switch {
	case r.Planned != 0 && !r.Season:
		return requestError("planned", "%d: is for a season; add --season", r.Planned)
	case r.Planned < 0 || r.Planned > season.Longest:
		return requestError("planned", "%d: want 1 to %d sessions", r.Planned, season.Longest)
	case !r.Season:
		return nil
	}
	r.origin("planned", r.Planned != 0)
	if r.Planned == 0 {
		r.Planned = season.Usual
	}
	return nil
}

// seasonPlan is nil where no season is asked for. Time is counted in weeks where the
// sessions of the table are dates, else in sessions.
func (r *Retest) seasonPlan(d *desk) *retest.SeasonPlan {
	if !r.Season {
		return nil
	}
	p := &retest.SeasonPlan{Planned: r.Planned}
	if apart := cohort.DaysApart(d.used.Sessions); len(apart) > 0 {
		p.Weeks = make([]float64, 1, len(apart)+1)
		for i, days := range apart {
			p.Weeks = append(p.Weeks, p.Weeks[i]+float64(days)/7)
		}
	}
	return p
}
