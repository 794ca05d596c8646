#include "textflag.h"

// func dotLanes(a0, a1, a2, a3, b0, b1 *float64, k int, s *[8]float64)
// Eight inner products of length k, a multiple of 4, four lanes at a time.
TEXT ·dotLanes(SB), NOSPLIT, $0-64
	MOVQ a0+0(FP), R8
	MOVQ a1+8(FP), R9
	MOVQ a2+16(FP), R10
	MOVQ a3+24(FP), R11
	MOVQ b0+32(FP), R12
	MOVQ b1+40(FP), R13
	MOVQ k+48(FP), CX
	MOVQ s+56(FP), DI
	VXORPD Y0, Y0, Y0
	VXORPD Y1, Y1, Y1
	VXORPD Y2, Y2, Y2
	VXORPD Y3, Y3, Y3
	VXORPD Y4, Y4, Y4
	VXORPD Y5, Y5, Y5
	VXORPD Y6, Y6, Y6
	VXORPD Y7, Y7, Y7
	XORQ AX, AX

loop:
	CMPQ AX, CX
	JGE  done
	VMOVUPD (R12)(AX*8), Y8
	VMOVUPD (R13)(AX*8), Y9
	VMOVUPD (R8)(AX*8), Y10
	VMOVUPD (R9)(AX*8), Y11
	VMOVUPD (R10)(AX*8), Y12
	VMOVUPD (R11)(AX*8), Y13
	VFMADD231PD Y8, Y10, Y0
	VFMADD231PD Y9, Y10, Y1
	VFMADD231PD Y8, Y11, Y2
	VFMADD231PD Y9, Y11, Y3
	VFMADD231PD Y8, Y12, Y4
	VFMADD231PD Y9, Y12, Y5
	VFMADD231PD Y8, Y13, Y6
	VFMADD231PD Y9, Y13, Y7
	ADDQ $4, AX
	JMP  loop

done:
	// Pairs of sums: lanes (0,1) and (2,3) of each, then both halves.
	VHADDPD Y1, Y0, Y0
	VHADDPD Y3, Y2, Y2
	VHADDPD Y5, Y4, Y4
	VHADDPD Y7, Y6, Y6
	VEXTRACTF128 $1, Y0, X1
	VEXTRACTF128 $1, Y2, X3
	VEXTRACTF128 $1, Y4, X5
	VEXTRACTF128 $1, Y6, X7
	VADDPD X1, X0, X0
	VADDPD X3, X2, X2
	VADDPD X5, X4, X4
	VADDPD X7, X6, X6
	VMOVUPD X0, (DI)
	VMOVUPD X2, 16(DI)
	VMOVUPD X4, 32(DI)
	VMOVUPD X6, 48(DI)
	VZEROUPPER
	RET

// func identify(leaf, sub uint32) (a, b, c, d uint32)
TEXT ·identify(SB), NOSPLIT, $0-24
	MOVL leaf+0(FP), AX
	MOVL sub+4(FP), CX
	CPUID
	MOVL AX, a+8(FP)
	MOVL BX, b+12(FP)
	MOVL CX, c+16(FP)
	MOVL DX, d+20(FP)
	RET

// func saved() uint32
// The low half of XCR0: which registers the system keeps for a thread.
TEXT ·saved(SB), NOSPLIT, $0-4
	XORL CX, CX
	XGETBV
	MOVL AX, ret+0(FP)
	RET
