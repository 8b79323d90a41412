package study

// Portable is a request as results may carry it: paths that start at the root
// of the machine are cut to the file's name. Whoever runs it again does so from
// the folder that holds the files.
func Portable(r Request) Request {
	r = copied(r)
	c := r.common()
	for _, path := range append(r.paths(), &c.Table.Path, &c.Table.Dictionary) {
		if *path != "" && *path != "-" {
			*path = shown(*path)
		}
	}
	return r
}

func (r *Retest) paths() (out []*string) {
	for i := range r.Noise {
		out = append(out, &r.Noise[i])
	}
	return out
}

func (r *Correlate) paths() []*string { return []*string{&r.Noise, &r.Study} }
