// glyph_read fills out, alphabet long, with the scores of the cell in (16 x 24).
// The weights are those of Net, in its order.
void glyph_read(const float *in, const float *conv1, const float *bias1, const float *conv2,
                const float *bias2, const float *dense1, const float *bias3,
                const float *dense2, const float *bias4, int alphabet, float *out);
