// tankroll_gemm adds to c (m x n) the product of a (m x k) and b (k x n). Rows lie
// lda, ldb and ldc numbers apart.
void tankroll_gemm(int m, int n, int k, const float *a, int lda, const float *b, int ldb, float *c, int ldc);
