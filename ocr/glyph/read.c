// The network of package glyph on several numbers at once. Every sum is taken in
// the order in which Net.ForwardAll takes it, so both give the same bits; the
// test holds them to that.
#include "read.h"

// On x86 the loader picks the wider form where the processor has it.
#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__) && !defined(__clang__)
#define WIDER __attribute__((target_clones("avx2", "default")))
#else
#define WIDER
#endif

#define INLINE static inline __attribute__((always_inline))

typedef float v4 __attribute__((vector_size(16)));
typedef float v8 __attribute__((vector_size(32)));
typedef float u4 __attribute__((vector_size(16), aligned(4)));
typedef float u8 __attribute__((vector_size(32), aligned(4)));

enum { W = 16, H = 24, C1 = 10, C2 = 20, W1 = W / 2, H1 = H / 2, W2 = W / 4, H2 = H / 4,
       FLAT = C2 * W2 * H2, DENSE = 96 };

INLINE float greatest(float a, float b) { return a > b ? a : b; }

// patterns lays two 3x3 patterns over in, whose planes are w x h with a border
// of one. w is 8 or 16.
INLINE void patterns(const float *in, int channels, int w, int h, const float *k, const float *bias, float *out) {
    const float *ka = k, *kb = k + 9 * channels;
    const int parts = w / 8;
    for (int y = 0; y < h; y++) {
        v8 a[2], b[2];
        for (int p = 0; p < parts; p++) a[p] = bias[0] + (v8){0}, b[p] = bias[1] + (v8){0};
        for (int c = 0; c < channels; c++) {
            const float *row = in + c * (w + 2) * (h + 2) + y * (w + 2);
            for (int d = 0; d < 3; d++, row += w + 2) {
                const float *p3 = ka + c * 9 + d * 3, *q3 = kb + c * 9 + d * 3;
                for (int p = 0; p < parts; p++) {
                    v8 l = *(const u8 *)(row + 8 * p), m = *(const u8 *)(row + 8 * p + 1),
                       r = *(const u8 *)(row + 8 * p + 2);
                    a[p] += p3[0] * l + p3[1] * m + p3[2] * r;
                    b[p] += q3[0] * l + q3[1] * m + q3[2] * r;
                }
            }
        }
        for (int p = 0; p < parts; p++) {
            *(u8 *)(out + y * w + 8 * p) = a[p];
            *(u8 *)(out + w * h + y * w + 8 * p) = b[p];
        }
    }
}

// halve keeps the greatest of every 2x2 and of 0; the result's rows are step
// apart.
INLINE void halve(const float *in, int w, int h, float *out, int step) {
    for (int y = 0; y < h / 2; y++)
        for (int x = 0; x < w / 2; x++) {
            const float *p = in + 2 * y * w + 2 * x;
            out[y * step + x] = greatest(greatest(greatest(p[0], p[1]), greatest(p[w], p[w + 1])), 0);
        }
}

// rows8 is eight rows of a dense layer.
INLINE void rows8(const float *x, int n, const float *k, const float *bias, float *out, int rows) {
    v4 s[8];
    for (int r = 0; r < 8; r++) s[r] = (v4){0};
    for (int i = 0; i + 3 < n; i += 4) {
        v4 v = *(const u4 *)(x + i);
        for (int r = 0; r < 8; r++) s[r] += *(const u4 *)(k + (r < rows ? r : 0) * n + i) * v;
    }
    for (int r = 0; r < rows; r++) out[r] = bias[r] + (s[r][0] + s[r][1] + s[r][2] + s[r][3]);
}

WIDER void glyph_read(const float *in, const float *conv1, const float *bias1, const float *conv2,
                      const float *bias2, const float *dense1, const float *bias3,
                      const float *dense2, const float *bias4, int alphabet, float *out) {
    float bordered[(W + 2) * (H + 2)] = {0};
    float one[2 * W * H];
    float p1[C1 * (W1 + 2) * (H1 + 2)] = {0};
    float two[2 * W1 * H1];
    float p2[FLAT], d1[DENSE];
    for (int y = 0; y < H; y++)
        for (int x = 0; x < W; x++) bordered[(y + 1) * (W + 2) + x + 1] = in[y * W + x];
    for (int o = 0; o < C1; o += 2) {
        patterns(bordered, 1, W, H, conv1 + o * 9, bias1 + o, one);
        for (int i = 0; i < 2; i++)
            halve(one + i * W * H, W, H, p1 + (o + i) * (W1 + 2) * (H1 + 2) + W1 + 3, W1 + 2);
    }
    for (int o = 0; o < C2; o += 2) {
        patterns(p1, C1, W1, H1, conv2 + o * 9 * C1, bias2 + o, two);
        for (int i = 0; i < 2; i++) halve(two + i * W1 * H1, W1, H1, p2 + (o + i) * W2 * H2, W2);
    }
    for (int o = 0; o < DENSE; o += 8) rows8(p2, FLAT, dense1 + o * FLAT, bias3 + o, d1 + o, 8);
    for (int o = 0; o < DENSE; o++) d1[o] = greatest(d1[o], 0);
    int o = 0;
    for (; o + 8 <= alphabet; o += 8) rows8(d1, DENSE, dense2 + o * DENSE, bias4 + o, out + o, 8);
    if (o < alphabet) rows8(d1, DENSE, dense2 + o * DENSE, bias4 + o, out + o, alphabet - o);
}
