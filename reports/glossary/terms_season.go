package glossary

// seasonTerms are those of retest --season.
var seasonTerms = []Term{
	{
		Name:    "season",
		Aliases: []string{"seasons", "planned sessions", "season of an athlete"},
		Keys: []string{"seasons", "season_tests", "settings.season", "settings.planned", "planned", "season_sessions",
			"baseline_sessions", "b", "family.season_readings", "family.season_stand_out"},
		Plain: "All sessions of an athlete after the baseline, read together: a watch that says when the athlete has left " +
			"the baseline, and a slope. How many sessions it has is set beforehand.",
		Formula: "J sessions after a baseline of b; each athlete's watch and slope are members of the call's family, " +
			"adjusted p ≤ α stands out",
		Where:  "retest --season, --planned J (12 unless said); tables of seasons, JSON seasons and season_tests",
		Source: NoSource,
		Misleads: "A season that is ended when it suits, or planned after looking, has another rate of false alarms. " +
			clinician,
		See: []string{"watch", "slope of a season", "family", "baseline"},
	},
	{
		Name: "watch",
		Aliases: []string{"watch over a season", "alarm", "alarms", "no alarm", "mean of", "factor c",
			"change from baseline (limits of the whole season)", "limits of the whole season", "is seen in",
			"a step of 1.5 typical errors", "alarms by chance"},
		Keys: []string{"watch", "alarm_at", "window_from", "window_to", "w", "mean_change", "mean_change_percent",
			"watch.limit", "limit", "c", "seasons.state", "alarms", "alarms_by_chance", "step", "step_power"},
		Plain: "After every session the means of the last one, two, three … sessions are held against the baseline. An " +
			"alarm says that one of them lies farther off than noise alone takes any of them in a whole season, but for " +
			"5 athletes of 100. A step, a slow rise and one bad day can all sound it.",
		Formula: "alarm when |mean of the last w − baseline| > c·TE·√(1/w + 1/b) for some w; c from P(T > c) = α, T the " +
			"largest of all looks of J sessions, by simulation with a fixed seed: mean of P(F(J+1, df) > c²/((J+1)·m²)) " +
			"over simulated directions; c = 3.26 for b 2, J 12, df 19. After J sessions it begins anew; p is then that " +
			"of the part farthest out times the number of parts",
		Where: "retest --season: tables of seasons, pictures of athletes (thick line and dashed limit), JSON watch",
		Source: "for looks at single sessions: Dunnett CW (1955), Journal of the American Statistical Association " +
			"50:1096–1121; with means of the last w, by simulation here",
		Misleads: "No alarm is no proof of no change: a step of 1.5 typical errors is seen in about a third of seasons (the " +
			"table says the share). The alarm tells when noise ceased to explain the scores, not when the change began, " +
			"and not why. " + clinician,
		See: []string{"season", "slope of a season", "false alarm", "stands out"},
	},
	{
		Name: "slope of a season",
		Aliases: []string{"slope per session", "slope per week", "scatter more", "scatters more than the noise study",
			"slope of an athlete"},
		Keys: []string{"seasons.slope", "slope_percent", "slope_unit", "seasons.slope_p", "seasons.slope_p_bh", "slope_state",
			"scatters_more", "scatter", "lines"},
		Plain: "The straight line through an athlete's sessions after the baseline: so much per session, or per week where " +
			"sessions are dates.",
		Formula: "b = Sxy/Sxx, SE = TE/√Sxx, t on the noise study's df; where residual mean square/TE² > F(0.90; J−2, df), " +
			"the residual SD on J−2 df. Four sessions or more",
		Where:  "retest --season: tables of seasons, JSON slope",
		Source: "least squares with a known error: " + draperSmith,
		Misleads: "A step looks like a slope too, and so does form that comes in slow waves. False alarms are 3.3 to 4.5 % " +
			"for 5 %, because seasons that scatter get the wider interval. " + clinician,
		See: []string{"season", "watch", "slow waves", "typical error"},
	},
	{
		Name:    "slow waves",
		Aliases: []string{"neighbouring sessions, r", "r of noise alone", "waves", "lag-1 correlation"},
		Keys:    []string{"lag_1", "lag_1_by_chance"},
		Plain: "Form that is high for some weeks and low for some weeks. Neighbouring sessions then lie on the same side of " +
			"the line, and a wave looks like a trend.",
		Formula: "r = Σ e(t)·e(t+1) / Σ e(t)², e the residuals of every athlete's line; noise alone gives about −2/J, since a " +
			"line was fitted",
		Where:    "retest --season: table of the season's tests; a warning where r is above that of noise alone",
		Source:   "expectation and spread of a ratio of quadratic forms; standard theory, no single source",
		Misleads: "Few athletes or short seasons hide waves. Without the warning there may be some all the same.",
		See:      []string{"slope of a season", "season"},
	},
}
