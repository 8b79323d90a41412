package reports

import (
	"fmt"

	assoc "noisefloor/analysis/association"
	"noisefloor/reports/number"
	"noisefloor/reports/table"
)

// depthTables are those beyond single correlations: planes as wholes, models,
// repeated measures, changes.
func (v Correlate) depthTables() []table.Table {
	return []table.Table{v.contrastTable(), v.modelTable(), v.addedTable(), v.termTable(), v.repeatedTable(),
		v.againstTable()}
}

func (v Correlate) contrasts() []*assoc.PlaneContrast {
	var out []*assoc.PlaneContrast
	for _, c := range []*assoc.PlaneContrast{v.Result.WithinPlaneContrast, v.Result.PlaneContrast} {
		if c != nil {
			out = append(out, c)
		}
	}
	return out
}

func (v Correlate) contrastTable() table.Table {
	t := table.Table{Name: "plane-contrast", Caption: "Two planes compared by all their tests together, turned so " +
		"that better is higher.", Columns: []table.Column{
		table.L("athletes", "over"), table.R("n", "n"), table.L("plane A", "plane_a"), table.R("mean r of A",
			"mean_r_a"), table.Machine("mean_r_a_lower"), table.Machine("mean_r_a_upper"),
		table.L("plane B", "plane_b"), table.R("mean r of B",
			"mean_r_b"), table.Machine("mean_r_b_lower"), table.Machine("mean_r_b_upper"),
		table.R("difference (Fisher's z)", "difference_fisher_z"), table.Machine("lower"), table.Machine("upper")}}
	for _, c := range v.contrasts() {
		over := "over all"
		if c.Within {
			over = "within level"
		}
		row := []table.Cell{table.Text(over), count(c.N), table.Text(c.PlaneA)}
		row = append(row, triple(c.RA, correlationWords(c.RA))...)
		row = append(row, table.Text(c.PlaneB))
		row = append(row, triple(c.RB, correlationWords(c.RB))...)
		t.Rows = append(t.Rows, append(row, triple(c.Difference, number.SignedEstimate(c.Difference, 2))...))
	}
	return t
}

func (v Correlate) modelTable() table.Table {
	t := table.Table{Name: "models", Caption: "How much of the outcome the tests explain, and predict.",
		Columns: []table.Column{
			table.L("model", "model"), table.R("athletes", "n"), table.R("R²", "r2"), table.R("adjusted",
				"adjusted_r2"), table.R("leave-one-out R²", "r2_loo"),
			table.R("residual SD", "residual_sd"), table.R("prediction SD", "prediction_sd"), table.L("", "reason")}}
	if v.Models == nil {
		return t
	}
	for _, m := range v.Models.Models {
		name := m.Name
		reason := modelReason(m, v.Models.Caveats)
		if reason != "" {
			name += ": " + reason
		}
		d := number.Decimals(m.ResidualSD)
		t.Rows = append(t.Rows, []table.Cell{table.Text(name), count(m.N), table.Num(m.R2, number.Plain(m.R2, 2)),
			table.Num(m.AdjustedR2, number.Plain(m.AdjustedR2, 2)),
			table.Num(m.R2LOO, number.Plain(m.R2LOO, 2)), table.Num(m.ResidualSD,
				number.WithUnit(number.Plain(m.ResidualSD, d), v.Result.OutcomeUnit)),
			table.Num(m.PredictionSD, number.WithUnit(number.Plain(m.PredictionSD, d),
				v.Result.OutcomeUnit)), table.Text(reason)})
	}
	return t
}

func (v Correlate) addedTable() table.Table {
	t := table.Table{Name: "added-value", Caption: "What each block of tests adds to what is there before it.",
		Columns: []table.Column{
			table.L("block", "block"), table.L("after", "after"), table.R("ΔR²",
				"delta_r2"), table.Machine("lower"), table.Machine("upper"),
			table.R("p (F)", "p"), table.Machine("f"), table.Machine("df1"), table.Machine("df2"), table.R("Δ "+
				"leave-one-out R²", "delta_r2_loo"), table.L("reading", "words")}}
	if v.Models == nil {
		return t
	}
	for _, a := range v.Models.Added {
		row := append([]table.Cell{table.Text(a.Block), table.Text(a.After)}, triple(a.DeltaR2,
			number.Estimate(a.DeltaR2, 2))...)
		t.Rows = append(t.Rows, append(row, table.Num(a.P, number.PValue(a.P)), table.Num(a.F, ""), table.Num(a.DF1,
			""), table.Num(a.DF2, ""),
			table.Num(a.DeltaR2LOO, number.Signed(a.DeltaR2LOO, 2)), table.Text(addedWords(*v.Models, a))))
	}
	return t
}

func (v Correlate) termTable() table.Table {
	t := table.Table{Name: "coefficients", Detail: true,
		Caption: "The terms of each model: outcome for one unit, and for one SD, of the term.", Columns: []table.Column{
			table.L("model", "model"), table.L("term", "term"), table.R("coefficient",
				"coefficient"), table.Machine("lower"), table.Machine("upper"),
			table.R("for one SD", "per_sd"), table.R("p", "p"), table.R("variance inflation", "variance_inflation")}}
	if v.Models == nil {
		return t
	}
	for _, m := range v.Models.Models {
		for _, x := range m.Terms {
			d := number.Decimals((x.Coefficient.Upper - x.Coefficient.Lower) / 4)
			row := append([]table.Cell{table.Text(m.Name), table.Text(v.label(x.Name))}, triple(x.Coefficient,
				number.SignedEstimate(x.Coefficient, d))...)
			t.Rows = append(t.Rows, append(row, table.Num(x.PerSD, number.Signed(x.PerSD,
				number.Decimals(m.ResidualSD))), table.Num(x.P, number.PValue(x.P)),
				table.Num(x.VIF, number.Plain(x.VIF, 1))))
		}
	}
	return t
}

func (v Correlate) repeatedTable() table.Table {
	t := table.Table{Name: "repeated-measures", Caption: "Inside athletes, from session to session: does the " +
		"outcome rise when the test does? (Bland & Altman 1995)", Columns: []table.Column{
		table.L("test", "label"), table.Machine("measure"), table.R("athletes", "athletes"), table.R("scores", "n"),
		table.R("r inside athletes", "r"), table.Machine("lower"), table.Machine("upper"), table.R("p",
			"p"), table.R("r of the athletes' means", "r_of_means"), table.R("r ignoring who is "+
			"who", "r_ignoring_athletes")},
		Notes: []string{"The last two answer other questions: whether strong athletes are also fast ones."}}
	for _, m := range v.Repeated {
		row := append([]table.Cell{table.Text(v.label(m.Measure)), table.Text(m.Measure), count(m.Athletes),
			count(m.N)}, triple(m.Estimate, correlationWords(m.Estimate))...)
		t.Rows = append(t.Rows, append(row, table.Num(m.P, number.PValue(m.P)), table.Num(m.Means,
			number.Correlation(m.Means)), table.Num(m.Ignoring, number.Correlation(m.Ignoring))))
	}
	return t
}

func (v Correlate) againstTable() table.Table {
	t := table.Table{Name: "change-against-change", Caption: fmt.Sprintf("Did those who gained more in a test gain "+
		"more in the outcome? Change from session %s to %s.", v.FromTo[0], v.FromTo[1]), Columns: []table.Column{
		table.L("test", "label"), table.Machine("measure"), table.R("athletes", "n"), table.R("r of the changes",
			"r"), table.Machine("lower"), table.Machine("upper"),
		table.R("p", "p"), table.R("Spearman", "spearman"), table.R("corrected r",
			"corrected"), table.Machine("corrected_lower"), table.Machine("corrected_upper")}}
	for _, m := range v.Changes {
		row := append([]table.Cell{table.Text(v.label(m.Measure)), table.Text(m.Measure), count(m.N)},
			triple(m.Pearson.Estimate, correlationWords(m.Pearson.Estimate))...)
		row = append(row, table.Num(m.Pearson.P, number.PValue(m.Pearson.P)), table.Num(m.Spearman.Value,
			number.Correlation(m.Spearman.Value)))
		if m.Corrected == nil {
			none := table.Text(number.Missing)
			t.Rows = append(t.Rows, append(row, none, table.Text(""), table.Text("")))
			continue
		}
		t.Rows = append(t.Rows, append(row, triple(m.Corrected.Estimate, correlationWords(m.Corrected.Estimate))...))
	}
	return t
}

func (v Correlate) addDepth(d *correlateDocument) {
	d.Contrast, d.ContrastIn = v.contrastDocument(v.Result.PlaneContrast), v.contrastDocument(v.Result.WithinPlaneContrast)
	if v.Models != nil {
		for _, m := range v.Models.Models {
			d.Models = append(d.Models, v.modelDocument(m))
		}
		for _, a := range v.Models.Added {
			d.Added = append(d.Added, added{a.Block, a.After, number64(a.F), number64(a.DF1), number64(a.DF2),
				number64(a.P), newInterval(a.DeltaR2), number64(a.DeltaR2LOO), addedWords(*v.Models, a)})
		}
	}
	for _, m := range v.Repeated {
		d.Repeated = append(d.Repeated, repeated{m.Measure, correlationDocument(m.Correlation), m.Athletes,
			newInterval(m.Slope), number64(m.Ignoring), number64(m.Means), v.phrases(m.Caveats)})
	}
	for _, m := range v.Changes {
		d.Changes = append(d.Changes, changeAgainst{m.Measure, m.N, correlationDocument(m.Pearson),
			correlationDocument(m.Spearman), newInterval(m.Slope),
			number64(m.ReliabilityTest), number64(m.ReliabilityOutcome), correctedDocument(m.Corrected), v.phrases(m.Caveats)})
	}
}

func (v Correlate) contrastDocument(c *assoc.PlaneContrast) *planeContrast {
	if c == nil {
		return nil
	}
	return &planeContrast{c.PlaneA, c.PlaneB, list(c.TestsA), list(c.TestsB), c.N, newInterval(c.RA),
		newInterval(c.RB), newInterval(c.Difference), v.phrases(c.Caveats)}
}

func (v Correlate) modelDocument(m assoc.Model) model {
	d := model{Name: m.Name, Terms: []string{}, N: m.N, DF: number64(m.DF), R2: number64(m.R2),
		AdjustedR2: number64(m.AdjustedR2), R2LOO: number64(m.R2LOO),
		ResidualSD: number64(m.ResidualSD), PredictionSD: number64(m.PredictionSD), Reason: modelReason(m,
			v.Models.Caveats), Warnings: v.phrases(m.Caveats)}
	for _, x := range m.Terms {
		d.Terms = append(d.Terms, x.Name)
		d.Inflation = append(d.Inflation, term{x.Name, x.Unit, x.Block, x.Tests, newInterval(x.Coefficient),
			number64(x.PerSD), number64(x.P), number64(x.VIF)})
	}
	return d
}

func correctedDocument(c *assoc.Corrected) *corrected {
	if c == nil {
		return nil
	}
	return &corrected{newInterval(c.Estimate), number64(c.ReliabilityTest), number64(c.ReliabilityOutcome), c.AboveOne,
		fmt.Sprintf("%s: %s; %s: %s", c.Sources[0].Variable, sourceWords(c.Sources[0]), c.Sources[1].Variable,
			sourceWords(c.Sources[1]))}
}
