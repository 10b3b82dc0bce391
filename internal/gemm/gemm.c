// Product of matrices on several numbers at once. Each number of the result is
// summed over k in order, whatever the processor, so all give the same bits.
#include "gemm.h"

// On x86 the loader picks the wider form where the processor has it.
#if defined(__x86_64__) && defined(__gnu_linux__) && defined(__GNUC__) && !defined(__clang__)
#define WIDER __attribute__((target_clones("avx2", "default")))
#else
#define WIDER
#endif

#define INLINE static inline __attribute__((always_inline))

typedef float v4 __attribute__((vector_size(16)));
typedef float u4 __attribute__((vector_size(16), aligned(4)));
typedef float v8 __attribute__((vector_size(32)));
typedef float u8 __attribute__((vector_size(32), aligned(4)));

// Four rows of a by sixteen columns of b stay in the processor while k runs.
enum { ROWS = 4, COLS = 16 };

INLINE void block(int rows, int k, const float *a, int lda, const float *b, int ldb, float *c, int ldc) {
    v8 s[ROWS][2];
    for (int r = 0; r < rows; r++)
        s[r][0] = *(u8 *)(c + r * ldc), s[r][1] = *(u8 *)(c + r * ldc + 8);
    for (int l = 0; l < k; l++, b += ldb) {
        v8 x = *(const u8 *)b, y = *(const u8 *)(b + 8);
        for (int r = 0; r < rows; r++) s[r][0] += a[r * lda + l] * x, s[r][1] += a[r * lda + l] * y;
    }
    for (int r = 0; r < rows; r++)
        *(u8 *)(c + r * ldc) = s[r][0], *(u8 *)(c + r * ldc + 8) = s[r][1];
}

// narrow is block for four columns, edge for the last few.
INLINE void narrow(int rows, int k, const float *a, int lda, const float *b, int ldb, float *c, int ldc) {
    v4 s[ROWS];
    for (int r = 0; r < rows; r++) s[r] = *(u4 *)(c + r * ldc);
    for (int l = 0; l < k; l++, b += ldb) {
        v4 x = *(const u4 *)b;
        for (int r = 0; r < rows; r++) s[r] += a[r * lda + l] * x;
    }
    for (int r = 0; r < rows; r++) *(u4 *)(c + r * ldc) = s[r];
}

INLINE void edge(int rows, int n, int k, const float *a, int lda, const float *b, int ldb, float *c, int ldc) {
    for (int r = 0; r < rows; r++)
        for (int j = 0; j < n; j++) {
            float s = c[r * ldc + j];
            for (int l = 0; l < k; l++) s += a[r * lda + l] * b[l * ldb + j];
            c[r * ldc + j] = s;
        }
}

WIDER void tankroll_gemm(int m, int n, int k, const float *a, int lda, const float *b, int ldb, float *c, int ldc) {
    int j = 0, i;
    for (; j + COLS <= n; j += COLS) {
        for (i = 0; i + ROWS <= m; i += ROWS) block(ROWS, k, a + i * lda, lda, b + j, ldb, c + i * ldc + j, ldc);
        for (; i < m; i++) block(1, k, a + i * lda, lda, b + j, ldb, c + i * ldc + j, ldc);
    }
    for (; j + 4 <= n; j += 4) {
        for (i = 0; i + ROWS <= m; i += ROWS) narrow(ROWS, k, a + i * lda, lda, b + j, ldb, c + i * ldc + j, ldc);
        for (; i < m; i++) narrow(1, k, a + i * lda, lda, b + j, ldb, c + i * ldc + j, ldc);
    }
    if (j < n) edge(m, n - j, k, a, lda, b + j, ldb, c + j, ldc);
}

typedef int i8 __attribute__((vector_size(32)));

// e to numbers up to 0, to five digits: 2 to the whole part is put together from its
// bits, to the rest a polynomial comes close.
INLINE void powers(v8 *x) {
    v8 least = (v8){} - 80.0f;
    i8 less = *x < least; // a truth is -1
    v8 y = (v8)(((i8)*x & ~less) | ((i8)least & less)) * 1.44269504f;
    i8 whole = __builtin_convertvector(y, i8);
    v8 f = y - __builtin_convertvector(whole, v8);
    whole += f < 0.0f;
    f = y - __builtin_convertvector(whole, v8);
    v8 p = 1.0f + f * (0.6931472f + f * (0.2402265f + f * (0.0555041f + f * (0.0096181f + f * 0.0013333f))));
    *x = p * (v8)((whole + 127) << 23);
}

WIDER void tankroll_shares(int m, int n, float *x, int ldx) {
    for (int i = 0; i < m; i++, x += ldx) {
        float most = x[0];
        for (int j = 1; j < n; j++) most = x[j] > most ? x[j] : most;
        v8 sums = {};
        int j = 0;
        for (; j + 8 <= n; j += 8) {
            v8 e = *(u8 *)(x + j) - most;
            powers(&e);
            *(u8 *)(x + j) = e;
            sums += e;
        }
        if (j < n) {
            v8 rest = (v8){} - 1e30f;
            for (int k = j; k < n; k++) rest[k - j] = x[k] - most;
            powers(&rest);
            for (int k = j; k < n; k++) x[k] = rest[k - j], sums[k - j] += rest[k - j];
        }
        float sum = 0;
        for (int k = 0; k < 8; k++) sum += sums[k];
        for (j = 0; j < n; j++) x[j] /= sum;
    }
}
