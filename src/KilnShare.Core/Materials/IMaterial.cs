using KilnShare.Core.Common;
using KilnShare.Core.Studios;

namespace KilnShare.Core.Materials;

/// <summary>
/// A clay or glaze that is written down: in the studio's book, for everyone, or as one member's own. What is a member's own is seen by that member and
/// by those who plan, and is for that member's pieces only, until it is taken into the book.
/// </summary>
public interface IMaterial : IArchivable
{
    /// <summary>The studio.</summary>
    Id<Studio> StudioId { get; }

    /// <summary>Its name.</summary>
    string Name { get; }

    /// <summary>Whose own it is; null: it stands in the studio's book.</summary>
    Id<Member>? MemberId { get; }

    /// <summary>Takes it into the studio's book.</summary>
    void TakeIn();

    /// <summary>True where this member may see it.</summary>
    /// <param name="member">Who looks.</param>
    /// <param name="plans">True for those who plan and fire: they see everything.</param>
    bool IsSeenBy(Id<Member> member, bool plans) => plans || IsFor(member);

    /// <summary>True where pieces of this member may be made with it.</summary>
    bool IsFor(Id<Member> owner) => MemberId is null || MemberId == owner;
}
