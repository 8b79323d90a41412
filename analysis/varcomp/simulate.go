package varcomp

func (f *fitted) bootstrapLimits(r *Result) {}
