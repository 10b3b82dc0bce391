// tankroll_gemm adds to c (m x n) the product of a (m x k) and b (k x n). Rows lie
// lda, ldb and ldc numbers apart.
void tankroll_gemm(int m, int n, int k, const float *a, int lda, const float *b, int ldb, float *c, int ldc);

// tankroll_shares makes each of m rows of n numbers, which lie ldx apart, into shares that
// sum to 1: e to the number, divided by the sum of the row.
void tankroll_shares(int m, int n, float *x, int ldx);
