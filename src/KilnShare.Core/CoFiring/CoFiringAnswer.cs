using KilnShare.Core.Cones;

namespace KilnShare.Core.CoFiring;

/// <summary>What the rules say of one piece.</summary>
/// <param name="Id">The piece.</param>
/// <param name="Verdict">Worst over kiln and others, findings between pieces that name it included.</param>
/// <param name="Self">Worst over what touches this piece only.</param>
/// <param name="Use">Worst for who eats from it; null where it is not for food, otherwise never compatible.</param>
/// <param name="Findings">What was found on this piece alone.</param>
public sealed record PieceAnswer(string Id, Verdict Verdict, Verdict Self, Verdict? Use, IReadOnlyList<Finding> Findings);

/// <summary>What the rules say of a load.</summary>
/// <param name="Verdict">Worst over kiln and others.</param>
/// <param name="Gate">What follows for a booking.</param>
/// <param name="Pieces">Piece by piece, in the order asked.</param>
/// <param name="Between">What was found between pieces, or on the firing itself.</param>
/// <param name="ConeWindow">The cones at which everything this kind of firing must satisfy is within range; null when none.</param>
public sealed record CoFiringAnswer(
    Verdict Verdict, Gate Gate, IReadOnlyList<PieceAnswer> Pieces, IReadOnlyList<Finding> Between, ConeRange? ConeWindow);
