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

// func dotLane(a, b *float64, k int) float64
// One inner product of length k, a multiple of 16, in four sums of four lanes.
TEXT ·dotLane(SB), NOSPLIT, $0-32
	MOVQ a+0(FP), R8
	MOVQ b+8(FP), R9
	MOVQ k+16(FP), CX
	VXORPD Y0, Y0, Y0
	VXORPD Y1, Y1, Y1
	VXORPD Y2, Y2, Y2
	VXORPD Y3, Y3, Y3
	XORQ AX, AX

loop:
	CMPQ AX, CX
	JGE  done
	VMOVUPD (R8)(AX*8), Y4
	VMOVUPD 32(R8)(AX*8), Y5
	VMOVUPD 64(R8)(AX*8), Y6
	VMOVUPD 96(R8)(AX*8), Y7
	VFMADD231PD (R9)(AX*8), Y4, Y0
	VFMADD231PD 32(R9)(AX*8), Y5, Y1
	VFMADD231PD 64(R9)(AX*8), Y6, Y2
	VFMADD231PD 96(R9)(AX*8), Y7, Y3
	ADDQ $16, AX
	JMP  loop

done:
	VADDPD Y1, Y0, Y0
	VADDPD Y3, Y2, Y2
	VADDPD Y2, Y0, Y0
	VEXTRACTF128 $1, Y0, X1
	VADDPD X1, X0, X0
	VHADDPD X0, X0, X0
	VMOVSD X0, ret+24(FP)
	VZEROUPPER
	RET

// func axpyLane(x float64, a, b *float64, k int)
// b += x·a for k entries, a multiple of 16.
TEXT ·axpyLane(SB), NOSPLIT, $0-32
	VBROADCASTSD x+0(FP), Y0
	MOVQ a+8(FP), R8
	MOVQ b+16(FP), R9
	MOVQ k+24(FP), CX
	XORQ AX, AX

loop:
	CMPQ AX, CX
	JGE  done
	VMOVUPD (R9)(AX*8), Y1
	VMOVUPD 32(R9)(AX*8), Y2
	VMOVUPD 64(R9)(AX*8), Y3
	VMOVUPD 96(R9)(AX*8), Y4
	VFMADD231PD (R8)(AX*8), Y0, Y1
	VFMADD231PD 32(R8)(AX*8), Y0, Y2
	VFMADD231PD 64(R8)(AX*8), Y0, Y3
	VFMADD231PD 96(R8)(AX*8), Y0, Y4
	VMOVUPD Y1, (R9)(AX*8)
	VMOVUPD Y2, 32(R9)(AX*8)
	VMOVUPD Y3, 64(R9)(AX*8)
	VMOVUPD Y4, 96(R9)(AX*8)
	ADDQ $16, AX
	JMP  loop

done:
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
